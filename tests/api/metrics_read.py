"""Reads figures with the parser of the format's own project (Debian: python3-prometheus-client)."""
import sys

from prometheus_client.parser import text_string_to_metric_families

with open(sys.argv[1], encoding="utf-8") as file:
    families = {family.name: family for family in text_string_to_metric_families(file.read())}
# The parser takes "_total" off the names of counters.
for name, kind in {"tidemark_info": "gauge", "tidemark_tanks": "gauge", "tidemark_commits": "counter", "tidemark_writes_waiting": "gauge", "tidemark_garden_bytes": "gauge",
                   "tidemark_free_bytes": "gauge", "tidemark_backup_old": "gauge", "tidemark_file_damaged": "gauge"}.items():
    family = families[name]
    assert family.type == kind and family.documentation, name
    assert len(family.samples) == 1 and family.samples[0].value >= 0, name
assert families["tidemark_info"].samples[0].labels["version"]
