// Package limit is a transparent look-ahead limiter: it holds the true peak of a track
// at a ceiling by turning it down for moments, and says what it took off.
//
// Levels are in dB relative to full scale, the ceiling in dBTP, times in seconds.
// Reductions are positive dB.
//
// Of each interval between two samples the highest magnitude of the continuous signal in
// any channel is found by 8 times oversampling and a parabola (package truepeak, ITU-R
// BS.1770-5 annex 2). Where that passes the ceiling, all channels need the gain
//
//	n = ceiling / peak < 1, everywhere else n = 1
//
// and get, with a look-ahead of A and a hold of H,
//
//	h[k] = min(n[k-H] ... n[k+A])
//	e[k] = min(h[k], e[k-1] + r (1 - e[k-1])),  r = 1 - exp(-1 / (release rate))
//	g[k] = the mean over A of the mean of e, two running means of A/2 each
//
// so that g <= n at both ends of every interval: the means reach back over what h has
// held since A before. Where nothing needs limiting g is 1 and the samples are what they
// were, bit for bit; the output is not late. The ceiling worked to is lower by guardDB.
//
// The form (peak detector, hold, smoothing by means that look ahead) is common practice;
// Giannoulis, Massberg and Reiss, "Digital Dynamic Range Compressor Design" (JAES 60(6),
// 2012) describe gain computers of this kind. The constants are ours, each with its
// reason.
//
// Limits: content within 2 % of half the sample rate is under-read by the interpolator,
// white noise by up to 0.25 dB, and so much may pass the ceiling there.
package limit
