"""The hand-over: diagrams, schedules, settings, maps and sheets that match the boat."""
