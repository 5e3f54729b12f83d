#!/bin/sh
# The least squares solver against scipy's (Debian python3-scipy). Skipped where scipy is missing, but not in CI.
for python in python3 /usr/bin/python3; do
  if "$python" -c 'import scipy.optimize' 2>/dev/null; then
    exec "$python" "$TIDEMARK_SRCDIR/tests/calc/nnls_against_scipy.py" ./tests/calc/nnls_cases
  fi
done
if [ "${CI:-}" = true ]; then
  echo 'scipy is missing, and in CI this comparison may not be skipped (apt: python3-scipy)'
  exit 1
fi
echo 'skipped: no python3 with scipy here (apt: python3-scipy)'
exit 77
