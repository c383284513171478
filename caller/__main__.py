"""`python -m caller` is `caller`."""

import sys

from caller.cli import main

sys.exit(main())
