package library

import (
	"context"
	"io"

	"dubgauge/library/playlist"
)

// Lists of tracks, as other programs write them.
type (
	Playlist        = playlist.List
	PlaylistEntry   = playlist.Entry
	PlaylistWarning = playlist.Warning
	PlaylistFormat  = playlist.Format
	PlaylistPlace   = playlist.Place
	PlaylistError   = playlist.Error
	// Found is the track that an entry of a list means.
	Found = playlist.Found
	How   = playlist.How
	Near  = playlist.Near
)

// The formats of lists.
const (
	M3U  = playlist.M3U
	XSPF = playlist.XSPF
	CSV  = playlist.CSV
)

// How an entry was found.
const (
	NotFound      = playlist.NotFound
	ByPath        = playlist.ByPath
	ByMovedRoot   = playlist.ByMovedRoot
	ByNameLength  = playlist.ByNameLength
	ByName        = playlist.ByName
	ByTitle       = playlist.ByTitle
	ByFingerprint = playlist.ByFingerprint
)

// MaxPlaylistBytes is how large a list may be.
const MaxPlaylistBytes = playlist.MaxBytes

// ReadPlaylist reads a list; see playlist.Read.
func ReadPlaylist(ctx context.Context, r io.Reader, name string) (Playlist, error) {
	return playlist.Read(ctx, r, name)
}

// ReadPlaylistFile reads the list at path; see playlist.ReadFile.
func ReadPlaylistFile(ctx context.Context, path string) (Playlist, error) {
	return playlist.ReadFile(ctx, path)
}

// FindPlaylist finds the tracks that the entries of a list mean; see playlist.Find.
func FindPlaylist(ctx context.Context, l Playlist, dir string, tracks []*Track) ([]Found, error) {
	return playlist.Find(ctx, l, dir, tracks)
}

// WritePlaylist writes a list; see playlist.Write.
func WritePlaylist(w io.Writer, f PlaylistFormat, l Playlist, at PlaylistPlace) error {
	return playlist.Write(w, f, l, at)
}

// IsPlaylistError gives what is wrong with a list, where err says that.
func IsPlaylistError(err error) (*PlaylistError, bool) { return playlist.IsError(err) }

// FindPlaylists finds the lists that lie in folders; see playlist.Look.
func FindPlaylists(ctx context.Context, roots []string) (paths []string, all bool, err error) {
	return playlist.Look(ctx, roots)
}
