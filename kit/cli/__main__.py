"""`python -m kit.cli` is `season`."""

import sys

from kit.cli import main

sys.exit(main())
