package studio

// The genres with a kick on every beat.
var (
	house = Genre{
		Name: "house", Four: true, BPM: [2]float64{120, 128}, Root: [2]float64{38, 66}, Swing: [2]float64{0, 0.25},
		Kick: fourKick, Snare: backbeat, Hats: offbeats,
		Perc: [][]int{{3, 7, 11}, {1, 6, 9, 14}, {3, 6, 10, 13, 15}, {}},
		Bass: []bassLine{
			{steps: []int{2, 3, 6, 10, 11, 14}, length: 1.4}, {steps: []int{2, 6, 10, 14}, length: 1.8},
			{steps: []int{0, 3, 6, 10, 13}, length: 2.2, up: []int{2}}, {steps: []int{0, 7, 10}, length: 4},
		},
		Timbres: []timbre{sine, saw, square, fm}, Layers: []layer{stab, pad, vocal, lead, arp}, Chords: true,
		KickHz: [2]float64{46, 58}, KickTail: [2]float64{0.10, 0.19},
		Balance: [regionCount]float64{-1.6, -8.4, -10.5, -12.9, -16.0, -19.5, -26.0},
		Parts:   parts{-7, -8, -11, -11},
	}
	techno = Genre{
		Name: "techno", Four: true, BPM: [2]float64{126, 138}, Root: [2]float64{40, 60}, Swing: [2]float64{0, 0.08},
		Kick: fourKick, Snare: [][]int{{12}, {4, 12}, {7, 15}, {}}, Hats: offbeats,
		Perc: [][]int{{1, 4, 7, 11, 14}, {3, 5, 11, 13}, {2, 9, 15}, {0, 3, 6, 9, 12, 15}},
		Bass: []bassLine{
			{steps: []int{1, 2, 3, 5, 6, 7, 9, 10, 11, 13, 14, 15}, length: 0.9}, {steps: []int{2, 6, 10, 14}, length: 1.6},
			{steps: []int{3, 6, 11, 14}, length: 1.2, up: []int{3}}, {steps: []int{2, 3, 6, 7, 10, 11, 14, 15}, length: 1},
		},
		Timbres: []timbre{sine, saw, fm}, Layers: []layer{stab, arp, pad, lead},
		KickHz: [2]float64{43, 55}, KickTail: [2]float64{0.13, 0.26},
		Balance: [regionCount]float64{-1.1, -9.6, -12.0, -14.0, -17.0, -20.0, -26.0},
		Parts:   parts{-5, -9, -12, -12},
	}
	trance = Genre{
		Name: "trance", Four: true, BPM: [2]float64{132, 142}, Root: [2]float64{40, 62}, Swing: [2]float64{0, 0.03},
		Kick: fourKick, Snare: backbeat, Hats: offbeats,
		Perc: [][]int{{}, {3, 7, 11, 15}, {6, 14}},
		Bass: []bassLine{
			{steps: []int{1, 2, 3, 5, 6, 7, 9, 10, 11, 13, 14, 15}, length: 0.9}, {steps: []int{2, 6, 10, 14}, length: 1.7},
			{steps: []int{2, 3, 6, 7, 10, 11, 14, 15}, length: 0.9, up: []int{1, 3, 5, 7}},
		},
		Timbres: []timbre{saw, saw, square}, Layers: []layer{arp, pad, lead, stab, vocal}, Chords: true,
		KickHz: [2]float64{47, 58}, KickTail: [2]float64{0.08, 0.15},
		Balance: [regionCount]float64{-2.2, -7.6, -9.4, -11.8, -15.0, -18.5, -24.5},
		Parts:   parts{-8, -9, -13, -9},
	}
	disco = Genre{
		Name: "disco house", Four: true, BPM: [2]float64{116, 126}, Root: [2]float64{42, 70}, Swing: [2]float64{0.02, 0.3},
		Kick: fourKick, Snare: backbeat, Hats: [][]int{sixteen, {2, 6, 10, 14}, {0, 2, 3, 6, 7, 10, 11, 14, 15}},
		Perc: [][]int{{3, 6, 11, 14}, {2, 5, 7, 10, 13, 15}, {7, 15}},
		Bass: []bassLine{
			{steps: []int{0, 2, 4, 6, 8, 10, 12, 14}, length: 1.6, up: []int{1, 3, 5, 7}},
			{steps: []int{0, 3, 6, 8, 11, 14}, length: 1.6, up: []int{2, 5}}, {steps: []int{0, 3, 7, 10, 12, 14}, length: 1.8},
		},
		Timbres: []timbre{fm, saw, sine, square}, Layers: []layer{stab, vocal, pad, lead}, Chords: true,
		KickHz: [2]float64{50, 64}, KickTail: [2]float64{0.07, 0.13},
		Balance: [regionCount]float64{-2.5, -7.0, -9.2, -11.5, -14.8, -18.3, -24.5},
		Parts:   parts{-9, -8, -11, -9},
	}
)
