"""From any form of the database to any other, step by step."""
