"""Reads a calendar with a library that is not ours and prints one event a line, parts split by U+001F; a line break inside a part as U+001E."""
import sys

import icalendar

calendar = icalendar.Calendar.from_ical(open(sys.argv[1], "rb").read())
print("\x1f".join([str(calendar["VERSION"]), str(calendar["NAME"]), str(calendar["X-WR-CALNAME"]), str(calendar["PRODID"]) != "" and "prodid"]))
for event in calendar.walk("VEVENT"):
    parts = [event["UID"], event["DTSTART"].dt.isoformat(), event["DTEND"].dt.isoformat(), event["DTSTAMP"].dt.isoformat(), event["SUMMARY"],
             event.get("DESCRIPTION", ""), event.get("URL", ""), event["TRANSP"]]
    print("\x1f".join(str(part).replace("\n", "\x1e") for part in parts))
