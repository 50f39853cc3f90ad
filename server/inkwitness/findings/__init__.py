"""Findings: which rules the print raises (`judge`), and the outcome that makes (`outcome`)."""
