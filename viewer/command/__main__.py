"""The command line, run as a module."""

import sys

from viewer.command.line import main

sys.exit(main())
