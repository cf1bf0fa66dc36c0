"""What the department publishes: contents, hashes, differences."""
