package picture

// TextWidth measures text with the font of the figures, for tests.
func TextWidth(line string, size float64, heavy bool) float64 {
	s := style(size, ink)
	if heavy {
		s = bold(s)
	}
	return width(s, line).Points()
}
