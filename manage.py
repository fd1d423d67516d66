#!/usr/bin/env python3
"""Django's command line for Sill & Plumb."""

import os
import sys


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "coordination.settings")
    from django.core.exceptions import ImproperlyConfigured
    from django.core.management import execute_from_command_line
    from django.db import OperationalError, ProgrammingError

    try:
        execute_from_command_line(sys.argv)
    except ImproperlyConfigured as fault:
        sys.exit(str(fault))
    except (OperationalError, ProgrammingError) as fault:
        if "--traceback" in sys.argv:
            raise
        sys.exit(
            f"The database does not answer: {fault}\nMake it ready with: python manage.py migrate. "
            "SILL_VAR or SILL_DATABASE says which one is meant; --traceback shows where it happened."
        )


if __name__ == "__main__":
    main()
