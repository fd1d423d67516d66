#!/usr/bin/env python3
"""Django's command line for Sill & Plumb."""

import os
import sys


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "coordination.settings")
    from django.core.exceptions import ImproperlyConfigured
    from django.core.management import execute_from_command_line

    try:
        execute_from_command_line(sys.argv)
    except ImproperlyConfigured as fault:
        sys.exit(str(fault))


if __name__ == "__main__":
    main()
