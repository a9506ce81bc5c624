"""Pages made on the server; all of them work without script."""
