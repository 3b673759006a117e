"""What leaves the program for good: pages to read, tables and data to keep, labels to stick on, and the way back in."""
