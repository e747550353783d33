"""Words, pictures and files of the workbench; no formulas."""
