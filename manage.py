#!/usr/bin/env python3
"""Start here: `up` runs the studio, `test` runs every test; any other word is a Django command."""

import os
import sys

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings.base")
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)
