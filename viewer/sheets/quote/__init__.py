"""The quote: a sheet for the customer, a workbook and lists for the office."""
