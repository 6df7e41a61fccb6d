"""Solid models of details."""
