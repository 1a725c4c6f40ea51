#!/bin/sh
# Makes the reference files of this folder again, and checks the given ones; about
# a minute. Needs Debian's python3-scipy, r-cran-survival and r-cran-nlme (all of
# them in Debian 12); the tests need none. README.md says what each file is.
set -eu
cd "$(dirname "$0")"
/usr/bin/python3 reference.py
Rscript --vanilla reference.R
