"""Repair details for old timber roof trusses, from the survey to the package."""

__version__ = "0.1.0"
