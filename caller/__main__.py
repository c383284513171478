"""`python -m caller` is `hall-caller`."""

import sys

from caller.cli import main

sys.exit(main())
