"""Walk-down case files as outside programs write them; read whole or refused."""
