"""The calculation report."""
