"""Register files: tables in CSV and XLSX read, compared with what stands, and written. Pure."""
