"""What a survey means: pure functions of plain values.  Standard library only, no I/O, no clock."""
