"""The command line, run as a module."""

import sys

try:
    from viewer.command.line import main
except KeyboardInterrupt:  # stopped while it was still being loaded
    sys.exit(130)

sys.exit(main())
