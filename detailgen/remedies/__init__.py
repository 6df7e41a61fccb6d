"""Repairs: each remedy is a folder of its own; the contract says what it offers."""
