#!/usr/bin/env python3
"""Start here: `up` runs the studio, `test` runs every test; any other word is a Django command."""

import os
import sys

OLDEST = (3, 11)


def main() -> int:
    """Check this Python, then let the bootstrap find or make the environment."""
    # Written for any Python 3, so that an old one can still read the sentence.
    if sys.version_info < OLDEST:
        sys.exit(
            "Handlaid needs Python %d.%d or newer, and this is Python %d.%d. Install a newer one from your system's packages "
            "or python.org, then run this again with it, for example: python3.12 manage.py up" % (OLDEST + sys.version_info[:2])
        )
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings.base")
    from studio import bootstrap

    return bootstrap.main(sys.argv)


if __name__ == "__main__":
    sys.exit(main())
