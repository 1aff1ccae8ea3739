"""Pages to print or mail, as PDF: letters embedded, A4 and Letter, black on white."""
