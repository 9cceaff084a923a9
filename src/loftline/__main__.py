"""``python -m loftline`` is the command ``loftline``."""

from __future__ import annotations

import sys

from loftline.cli import main

if __name__ == "__main__":
    sys.exit(main())
