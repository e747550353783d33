"""What the charts share: palettes, drawing parts, text placing, axes, exports."""
