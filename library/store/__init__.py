"""The database and the folder of media."""
