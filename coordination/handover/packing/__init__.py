"""Folders that open without the program: names, what goes in, where it is written, how it is checked."""
