"""The report of a case for the customer or the shift, as plain values for a sheet."""
