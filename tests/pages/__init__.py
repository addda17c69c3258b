"""The pages through Django's client, as the application's role, on real PostgreSQL."""
