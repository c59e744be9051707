"""Sheets on paper and in the browser."""
