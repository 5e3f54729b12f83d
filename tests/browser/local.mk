# What the pages compute by themselves runs with the other tests; the browser tests have a target of their own,
# since they need npm's playwright-core and Debian's chromium.
BROWSER_TESTS = \
	tests/browser/calendar.test.mjs \
	tests/browser/cautions.test.mjs \
	tests/browser/cups.test.mjs \
	tests/browser/crops.test.mjs \
	tests/browser/doubts.test.mjs \
	tests/browser/first-day.test.mjs \
	tests/browser/garden.test.mjs \
	tests/browser/german.test.mjs \
	tests/browser/keyboard.test.mjs \
	tests/browser/keyboard-flows.test.mjs \
	tests/browser/import.test.mjs \
	tests/browser/marks.test.mjs \
	tests/browser/mixes.test.mjs \
	tests/browser/network.test.mjs \
	tests/browser/noscript.test.mjs \
	tests/browser/photos.test.mjs \
	tests/browser/reckon.test.mjs \
	tests/browser/records.test.mjs \
	tests/browser/rounddays.test.mjs \
	tests/browser/rounds.test.mjs \
	tests/browser/season.test.mjs \
	tests/browser/shelf.test.mjs \
	tests/browser/size.test.mjs \
	tests/browser/states.test.mjs \
	tests/browser/today.test.mjs \
	tests/browser/units.test.mjs \
	tests/browser/watch.test.mjs
EXTRA_DIST += $(BROWSER_TESTS) \
	tests/browser/harness.mjs \
	tests/browser/keys.mjs \
	tests/browser/modules \
	tests/browser/modules.test.mjs \
	tests/browser/package-lock.json \
	tests/browser/package.json \
	tests/browser/picture.mjs fixtures/pictures/tank.png \
	tests/browser/sums.test.mjs
TESTS += tests/browser/modules

# The log lies in tests/browser/pages.log, in the words of node's runner.
check-browser: tidemarkd$(EXEEXT) site.stamp
	@$(MKDIR_P) tests/browser
	@cmp -s $(srcdir)/tests/browser/package-lock.json tests/browser/installed.json || { \
	  cp -f $(srcdir)/tests/browser/package.json $(srcdir)/tests/browser/package-lock.json tests/browser/ && \
	  (cd tests/browser && npm ci --ignore-scripts --no-audit --no-fund --silent && cp -f package-lock.json installed.json); }
	@$(AM_TESTS_ENVIRONMENT) set --; \
	for file in $(BROWSER_TESTS); do set -- "$$@" $(srcdir)/$$file; done; \
	node --test --test-concurrency=1 "$$@" >tests/browser/pages.log 2>&1; status=$$?; \
	test $$status = 0 && grep -E '^. (pass|fail|skipped) ' tests/browser/pages.log || cat tests/browser/pages.log; \
	exit $$status

.PHONY: check-browser
