"""What keeps the library: consent, holds, retention; backup, bags for elsewhere, and the check of all that is there."""
