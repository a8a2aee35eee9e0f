package mp3

// reorder puts the lines of a short block, which are coded window by window in
// each band, in order of frequency (clause 2.4.3.4.8):
//
//	x[start + 3 i + window] = x[start + window width + i]
//
// so that a subband holds six lines of each window in turn. lines is the number
// of lines that may differ from zero; the number after reordering is returned.
func reorder(x, scratch *[granuleSamples]float32, lines int, parts []part) int {
	end := 0
	for i := 0; i < len(parts); i++ {
		p := parts[i]
		if p.window == longWindow {
			end = min(int(p.start+p.width), lines)
			continue
		}
		start, width := int(p.start), int(p.width)
		if start >= lines {
			break
		}
		end = start + 3*width
		interleave(scratch[:3*width], x[start:end], width)
		copy(x[start:end], scratch[:3*width])
		i += 2
	}
	return end
}

// interleave takes three windows of width lines from src to dst line by line.
func interleave(dst, src []float32, width int) {
	a, b, c := src[:width], src[width:2*width], src[2*width:3*width]
	for i := range a {
		d := dst[3*i : 3*i+3 : 3*i+3]
		d[0], d[1], d[2] = a[i], b[i], c[i]
	}
}
