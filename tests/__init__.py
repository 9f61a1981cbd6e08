"""Tests, in folders that mirror the apps."""
