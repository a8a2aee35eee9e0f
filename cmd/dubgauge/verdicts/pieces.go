package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"dubgauge/cmd/dubgauge/sound"
	"dubgauge/decode"
)

// pieceSeconds of a real piece are taken at most, from its beginning.
const pieceSeconds = 150

// minPieceSeconds is the shortest piece that serves: the loudest 30 s must exist.
const minPieceSeconds = 35

// errShort is of pieces that are too short to serve; they are left out.
var errShort = errors.New("too short to serve")

// findPieces lists the music of some folders, in order.
func findPieces(folders []string) []string {
	var out []string
	for _, dir := range folders {
		filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
			if err == nil && !d.IsDir() && slices.Contains([]string{".mp3", ".wav", ".flac", ".aiff", ".ogg"}, strings.ToLower(filepath.Ext(path))) {
				out = append(out, path)
			}
			return nil
		})
	}
	return out
}

// readPiece decodes a piece; mono becomes two equal channels. Its rate is taken
// for the studio's, which moves key and tempo and nothing else.
func readPiece(path string) (sound.Audio, error) {
	s, err := decode.Open(context.Background(), path)
	if err != nil {
		return sound.Audio{}, fmt.Errorf("%s: %w", path, err)
	}
	defer s.Close()
	var a sound.Audio
	buf := make([][]float32, s.Info().Channels)
	for c := range buf {
		buf[c] = make([]float32, 4096)
	}
	for a.Len() < pieceSeconds*sound.Rate {
		n, err := s.Read(buf)
		for i := range n {
			a.L = append(a.L, float64(buf[0][i]))
			a.R = append(a.R, float64(buf[min(1, len(buf)-1)][i]))
		}
		if err == io.EOF {
			return a, longEnough(a, path)
		}
		if err != nil {
			return a, fmt.Errorf("%s: %w", path, err)
		}
	}
	fadeOut(a)
	return a, nil
}

func longEnough(a sound.Audio, path string) error {
	if a.Len() < minPieceSeconds*sound.Rate {
		return fmt.Errorf("%s: %w", path, errShort)
	}
	return nil
}

// fadeSeconds end a piece that is cut: a cut end is a fault of a track.
const fadeSeconds = 8

func fadeOut(a sound.Audio) {
	n := min(a.Len(), fadeSeconds*sound.Rate)
	a.Both(func(x []float64) {
		for i, tail := 0, x[len(x)-n:]; i < n; i++ {
			tail[i] *= math.Pow(math.Cos(math.Pi/2*float64(i)/float64(n)), 2)
		}
	})
}
