"""The Build sheet place: the sheet as it will print, notes, printing, PDF."""
