"""What made an item or a question: the workings of a reading, as records that can be shown."""
