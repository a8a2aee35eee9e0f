package tags

import (
	"strconv"
	"strings"
)

// id3Genres reads a TCON value: a name, a number, or numbers in brackets before a
// name, such as "(18)", "(4)(35)Deep"; "((" stands for a bracket. "RX" and "CR"
// are remix and cover (ID3v2.3 clause 4.2.1).
func id3Genres(s string) []string {
	s = strings.TrimSpace(s)
	var out []string
	for strings.HasPrefix(s, "(") && !strings.HasPrefix(s, "((") {
		number, rest, ok := strings.Cut(s[1:], ")")
		if !ok {
			break
		}
		name, known := genreName(number)
		if !known {
			break
		}
		out = append(out, name)
		s = strings.TrimSpace(rest)
	}
	s = strings.Replace(s, "((", "(", 1)
	if name, known := genreName(s); known {
		s = name
	}
	// A name behind its own number says it again.
	if s != "" && (len(out) == 0 || !strings.EqualFold(s, out[len(out)-1])) {
		out = append(out, s)
	}
	return out
}

func genreName(s string) (string, bool) {
	switch s {
	case "RX":
		return "Remix", true
	case "CR":
		return "Cover", true
	}
	n, err := strconv.Atoi(s)
	if err != nil || n < 0 || n >= len(id3v1Genres) || len(s) > 3 {
		return "", false
	}
	return id3v1Genres[n], true
}

// id3v1Genres are the genres that ID3v1 numbers (0 to 79) and those that writers
// of it added later (common practice).
var id3v1Genres = strings.Split("Blues,Classic Rock,Country,Dance,Disco,Funk,Grunge,Hip-Hop,"+
	"Jazz,Metal,New Age,Oldies,Other,Pop,R&B,Rap,Reggae,Rock,Techno,Industrial,Alternative,Ska,"+
	"Death Metal,Pranks,Soundtrack,Euro-Techno,Ambient,Trip-Hop,Vocal,Jazz+Funk,Fusion,Trance,"+
	"Classical,Instrumental,Acid,House,Game,Sound Clip,Gospel,Noise,Alt. Rock,Bass,Soul,Punk,"+
	"Space,Meditative,Instrumental Pop,Instrumental Rock,Ethnic,Gothic,Darkwave,Techno-Industrial,"+
	"Electronic,Pop-Folk,Eurodance,Dream,Southern Rock,Comedy,Cult,Gangsta Rap,Top 40,Christian Rap,"+
	"Pop/Funk,Jungle,Native American,Cabaret,New Wave,Psychedelic,Rave,Showtunes,Trailer,Lo-Fi,"+
	"Tribal,Acid Punk,Acid Jazz,Polka,Retro,Musical,Rock & Roll,Hard Rock,"+
	// 80 on
	"Folk,Folk-Rock,National Folk,Swing,Fast-Fusion,Bebop,Latin,Revival,Celtic,Bluegrass,Avantgarde,"+
	"Gothic Rock,Progressive Rock,Psychedelic Rock,Symphonic Rock,Slow Rock,Big Band,Chorus,"+
	"Easy Listening,Acoustic,Humour,Speech,Chanson,Opera,Chamber Music,Sonata,Symphony,Booty Bass,"+
	"Primus,Porn Groove,Satire,Slow Jam,Club,Tango,Samba,Folklore,Ballad,Power Ballad,"+
	"Rhythmic Soul,Freestyle,Duet,Punk Rock,Drum Solo,A Cappella,Euro-House,Dance Hall,Goa,"+
	"Drum & Bass,Club-House,Hardcore,Terror,Indie,BritPop,Afro-Punk,Polsk Punk,Beat,"+
	"Christian Gangsta Rap,Heavy Metal,Black Metal,Crossover,Contemporary Christian,Christian Rock,"+
	"Merengue,Salsa,Thrash Metal,Anime,JPop,Synthpop,Abstract,Art Rock,Baroque,Big Beat,Breakbeat,"+
	"Chillout,Downtempo,Dub,EBM,Eclectic,Electro,Electroclash,Emo,Experimental,Garage,Global,IDM,"+
	"Illbient,Industro-Goth,Jam Band,Krautrock,Leftfield,Lounge,Math Rock,New Romantic,Nu-Breakz,"+
	"Post-Punk,Post-Rock,Psytrance,Shoegaze,Space Rock,Trop Rock,World Music,Neoclassical,Audiobook,"+
	"Audio Theatre,Neue Deutsche Welle,Podcast,Indie Rock,G-Funk,Dubstep,Garage Rock,Psybient", ",")
