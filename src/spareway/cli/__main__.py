"""`python -m spareway.cli` does what the installed script does."""
import sys

from spareway.cli import main

sys.exit(main())
