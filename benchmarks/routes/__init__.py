"""Cable routes: case files, families with known lengths, comparison with general libraries."""
