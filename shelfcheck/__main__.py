"""``python -m shelfcheck`` is the command line."""

import sys

from shelfcheck.cli import main

sys.exit(main())
