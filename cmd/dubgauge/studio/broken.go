package studio

// The genres with broken beats.
var (
	drumAndBass = Genre{
		Name: "drum and bass", BPM: [2]float64{170, 178}, Root: [2]float64{38, 62}, Swing: [2]float64{0, 0.06},
		Kick: [][]int{{0, 10}, {0, 2, 10}, {0, 10, 11}}, Snare: backbeat, Hats: eighths,
		Perc: [][]int{{7, 9, 15}, {3, 7, 9, 14}, {6, 13}, {1, 3, 7, 9, 11, 15}},
		Bass: []bassLine{
			{steps: []int{0, 6, 10}, length: 4, glide: true}, {steps: []int{0}, length: 15.5, glide: true},
			{steps: []int{0, 3, 8, 11}, length: 2.5, up: []int{3}}, {steps: []int{0, 8}, length: 7.5},
		},
		Timbres: []timbre{reese, sine, saw, reese, fm}, Layers: []layer{pad, vocal, stab, arp, lead},
		KickHz: [2]float64{48, 62}, KickTail: [2]float64{0.06, 0.11},
		Balance: [regionCount]float64{-1.7, -8.8, -10.6, -12.5, -15.2, -18.3, -24.5},
		Parts:   parts{-9, -6, -9, -12},
	}
	dubstep = Genre{
		Name: "dubstep", BPM: [2]float64{138, 146}, Root: [2]float64{36, 58}, Swing: [2]float64{0, 0.12},
		Kick: [][]int{{0}, {0, 6}, {0, 10}, {0, 3}}, Snare: [][]int{{8}}, Hats: eighths,
		Perc: [][]int{{3, 6, 11, 14}, {5, 13}, {2, 7, 10, 15}},
		Bass: []bassLine{
			{steps: []int{0}, length: 15.5, glide: true}, {steps: []int{0, 6, 10}, length: 4},
			{steps: []int{0, 3, 6, 12}, length: 3, up: []int{3}}, {steps: []int{0, 10}, length: 6, glide: true},
		},
		Timbres: []timbre{wobble, sine, fm, wobble, reese}, Layers: []layer{stab, pad, lead, vocal},
		KickHz: [2]float64{46, 60}, KickTail: [2]float64{0.09, 0.16},
		Balance: [regionCount]float64{-1.1, -9.6, -11.8, -13.7, -16.4, -19.9, -26.5},
		Parts:   parts{-9, -5, -10, -13},
	}
	breaks = Genre{
		Name: "breaks", BPM: [2]float64{128, 140}, Root: [2]float64{40, 66}, Swing: [2]float64{0, 0.18},
		Kick: [][]int{{0, 6, 10}, {0, 10}, {0, 3, 10}, {0, 7, 10}}, Snare: [][]int{{4, 12}, {4, 12, 15}}, Hats: eighths,
		Perc: [][]int{{7, 9, 15}, {2, 5, 9, 14}, {7, 11}},
		Bass: []bassLine{
			{steps: []int{0, 3, 6, 10, 13}, length: 1.8}, {steps: []int{0, 6, 10}, length: 3, glide: true},
			{steps: []int{0, 2, 6, 8, 11, 14}, length: 1.4, up: []int{3, 5}},
		},
		Timbres: []timbre{saw, fm, reese, square, sine}, Layers: []layer{stab, vocal, lead, pad, arp},
		KickHz: [2]float64{47, 62}, KickTail: [2]float64{0.07, 0.14},
		Balance: [regionCount]float64{-1.9, -8.2, -10.2, -12.3, -15.2, -18.7, -25.0},
		Parts:   parts{-8, -7, -9, -11},
	}
	twoStep = Genre{
		Name: "two-step", BPM: [2]float64{130, 136}, Root: [2]float64{40, 68}, Swing: [2]float64{0.2, 0.4},
		Kick: [][]int{{0, 10}, {0, 7}, {0, 3, 10}}, Snare: backbeat, Hats: [][]int{{2, 5, 6, 10, 13, 14}, {1, 2, 6, 7, 10, 13, 14}, sixteen},
		Perc: [][]int{{3, 7, 11, 15}, {1, 6, 9, 14}, {7, 9, 15}},
		Bass: []bassLine{
			{steps: []int{0, 3, 7, 10}, length: 2.4}, {steps: []int{0, 6, 11}, length: 3.5, glide: true},
			{steps: []int{2, 3, 7, 10, 14}, length: 1.6, up: []int{4}},
		},
		Timbres: []timbre{sine, saw, fm, square}, Layers: []layer{stab, vocal, pad, lead}, Chords: true,
		KickHz: [2]float64{48, 62}, KickTail: [2]float64{0.07, 0.13},
		Balance: [regionCount]float64{-1.6, -9.0, -10.8, -12.5, -15.4, -18.3, -24.5},
		Parts:   parts{-8, -7, -9, -11},
	}
	dembow = Genre{
		Name: "dembow", BPM: [2]float64{88, 102}, Root: [2]float64{40, 68}, Swing: [2]float64{0, 0.08},
		Kick: fourKick, Snare: [][]int{{3, 6, 11, 14}}, Hats: [][]int{{0, 2, 4, 6, 8, 10, 12, 14}, sixteen, {2, 6, 10, 14}},
		Perc: [][]int{{3, 7, 11, 15}, {2, 6, 10}, {7, 15}},
		Bass: []bassLine{
			{steps: []int{0, 3, 6, 8, 11, 14}, length: 1.5}, {steps: []int{0, 8}, length: 6, glide: true},
			{steps: []int{0, 6, 8, 14}, length: 2.6},
		},
		Timbres: []timbre{sine, saw, fm, sine}, Layers: []layer{vocal, stab, lead, pad}, Chords: true,
		KickHz: [2]float64{48, 64}, KickTail: [2]float64{0.10, 0.22},
		Balance: [regionCount]float64{-1.5, -8.8, -10.4, -12.3, -15.4, -18.9, -25.5},
		Parts:   parts{-7, -7, -10, -10},
	}
)
