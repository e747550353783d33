"""The build sheet: pages drawn alike into a PDF, onto a printer and into the preview."""
