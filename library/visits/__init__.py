"""How a walk-through comes into the library: subject, visit, media, draft."""
