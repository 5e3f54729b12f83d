# The pages. WWW_TEXT is sent compressed, WWW_BINARY is not; both are paths like www/today.html.
# WWW_MADE is text that the build makes, a path like site/openapi.json with a rule of its own.
# All of it is gathered in site/ of the build folder, each text with its .gz beside it: that is
# what `tidemarkd --www` is given before the install. (Not www/: in a build folder elsewhere make
# would then take the old copy there for the source.)
EXTRA_DIST += $(WWW_TEXT) $(WWW_BINARY)
wwwdir = $(pkgdatadir)/www

# A page's modules go out as one file: a phone asks for six at a time and waits for each round, and twenty small ones took four
# rounds. So the modules that others import have no place in site/ themselves. The pages in www/ work as they are, too.
# What is read before anything is painted is made small: on a slow phone each kilobyte and each line read counts there.
# gzip -n leaves the time out: the same page gives the same bytes.
ESBUILD_FLAGS = --bundle --minify --format=esm --charset=utf8 --log-level=warning
site.stamp: $(WWW_TEXT) $(WWW_BINARY) $(WWW_MADE)
	$(AM_V_GEN)for file in $(WWW_TEXT) $(WWW_BINARY); do \
	  to=site/$${file#www/}; \
	  $(MKDIR_P) "$${to%/*}" && cp -f $(srcdir)/$$file $$to || exit 1; \
	done; \
	for script in `sed -n 's/^<script type="module" src="\([^"]*\)".*/\1/p' site/*.html | sort -u`; do \
	  $(ESBUILD) $(srcdir)/www/$$script $(ESBUILD_FLAGS) --outfile=site/$$script --allow-overwrite || exit 1; \
	done; \
	for file in style.css theme.js sw.js; do \
	  $(ESBUILD) $(srcdir)/www/$$file --minify --charset=utf8 --log-level=warning --outfile=site/$$file --allow-overwrite || exit 1; \
	done; \
	for file in site/words/*.json; do sed 's/^  //' $$file | tr -d '\n' >$$file.tmp && mv -f $$file.tmp $$file || exit 1; done; \
	for part in `sed -n "s,^import .* from './\([^']*\)';,\1,p" $(srcdir)/www/*.js | sort -u`; do rm -f site/$$part site/$$part.gz; done; \
	for file in $(WWW_TEXT) $(WWW_MADE); do \
	  to=site/$${file#*/}; \
	  test ! -f $$to || { gzip -9 -n -c $$to >$$to.gz.tmp && mv -f $$to.gz.tmp $$to.gz; } || exit 1; \
	done; \
	touch $@

all-local: site.stamp

install-data-local: site.stamp
	@for file in $(WWW_TEXT) $(WWW_MADE) $(WWW_BINARY); do \
	  name=$${file#*/}; to="$(DESTDIR)$(wwwdir)/$$name"; \
	  test -f site/$$name || continue; \
	  $(MKDIR_P) "$${to%/*}" && $(INSTALL_DATA) site/$$name "$$to" || exit 1; \
	  test ! -f site/$$name.gz || $(INSTALL_DATA) site/$$name.gz "$$to.gz" || exit 1; \
	done

uninstall-local:
	rm -rf "$(DESTDIR)$(wwwdir)"

WWW_TEXT += \
	www/api.js \
	www/asking.js \
	www/batch.html \
	www/batch.js \
	www/buying.js \
	www/chart.js \
	www/climate.js \
	www/crops.js \
	www/dialog.js \
	www/dom.js \
	www/drawing.js \
	www/drift.js \
	www/doubts.js www/duties.js \
	www/fields.js \
	www/focus.js \
	www/garden.html \
	www/garden.js \
	www/import.html \
	www/import.js \
	www/harvests.html \
	www/harvests.js \
	www/icon.svg \
	www/id.js \
	www/index.html \
	www/kept.js \
	www/labels.html \
	www/labels.js \
	www/lid.html \
	www/lid.js \
	www/lidplan.js \
	www/lidview.js \
	www/log.js \
	www/manifest.json \
	www/marks.js \
	www/meters.js \
	www/mix.html \
	www/mix.js \
	www/mixes.js \
	www/nitrate.js \
	www/order.js \
	www/outbox.js \
	www/page.js \
	www/photos.js \
	www/pair.html \
	www/pair.js \
	www/paper-a4.css \
	www/paper-letter.css \
	www/plan.html \
	www/plan.js \
	www/planning.js \
	www/ratios.js \
	www/records.js \
	www/round.html \
	www/round.js \
	www/rounddays.js www/rounds.js \
	www/salts.js \
	www/season.html \
	www/season.js \
	www/sensors.js \
	www/sentences.js \
	www/shelf.html \
	www/shelf.js \
	www/sources.js \
	www/stocks.js \
	www/style.css \
	www/sw.js \
	www/tank.html \
	www/tank.js \
	www/theme.js \
	www/today.js \
	www/underway.js \
	www/units.js \
	www/walk.js \
	www/watch.js \
	www/waters.js \
	www/weather.js \
	www/words.js \
	www/words/de-desk.json \
	www/words/de-said.json \
	www/words/de.json \
	www/words/en-desk.json \
	www/words/en.json
