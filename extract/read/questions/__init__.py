"""What a talk left open: one file for each kind of question."""
