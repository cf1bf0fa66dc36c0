"""What the department keeps, and the rules by which anything gets into it."""
