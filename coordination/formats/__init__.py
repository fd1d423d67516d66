"""Formats of numbers and days that differ from the framework’s own."""
