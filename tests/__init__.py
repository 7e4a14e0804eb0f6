"""Tests; each folder mirrors the code it checks."""
