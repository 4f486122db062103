"""Price lists of suppliers: fetched, brought into our own columns, compared and taken over."""
