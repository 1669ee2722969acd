"""Messy lists in: what was read, beside the raw cell, with questions where a careful person would ask."""
