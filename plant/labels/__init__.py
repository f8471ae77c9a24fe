"""Labels to print: how a sheet is divided, and the code that a camera reads; pure."""
