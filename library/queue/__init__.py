"""Work that takes longer than a person waits: kept in the library, done in the background, once."""
