"""Marks: what a grammar finds in the lines, and how certain each letter is."""
