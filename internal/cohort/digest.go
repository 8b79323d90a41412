package cohort

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"math"
	"math/bits"
)

// digestName heads what is hashed: digests of other kinds never match.
const digestName = "noisefloor session digest 2\n"

// SessionDigest identifies the values of one session (an index into
// t.Sessions), whatever the order of the rows, the numbers of the trials and
// the codes of the athletes: in lower-case hex, the SHA-256 of digestName and
// of three big-endian words,
//
//	n, Σ mix(v ^ 0x9e3779b97f4a7c15) mod 2⁶⁴, Σ mix(reverse(v) ^ 0xd1b54a32d192ed03) mod 2⁶⁴
//
// over the n values v, each as its 64 bits of IEEE 754; reverse turns their order
// round, and
//
//	mix: v ^= v>>30; v *= 0xbf58476d1ce4e5b9; v ^= v>>27; v *= 0x94d049bb133111eb; v ^= v>>31
//
// is the finalizer of SplitMix64 (Steele, Lea & Flood 2014, OOPSLA, 453-472).
// Sums do not depend on order, so nothing is sorted and memory does not grow.
// Two sessions that differ by accident have the same digest once in 2¹²⁸; it
// does not withstand someone who makes values up to match. It is "" for a
// session without values.
func (m *Measure) SessionDigest(session int) string {
	var n, one, two uint64
	for i, s := range m.Session {
		if int(s) == session {
			v := math.Float64bits(m.Value[i] + 0) // -0 becomes 0
			n, one, two = n+1, one+splitmix(v^0x9e3779b97f4a7c15), two+splitmix(bits.Reverse64(v)^0xd1b54a32d192ed03)
		}
	}
	if n == 0 {
		return ""
	}
	b := []byte(digestName)
	for _, word := range []uint64{n, one, two} {
		b = binary.BigEndian.AppendUint64(b, word)
	}
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

func splitmix(v uint64) uint64 {
	v = (v ^ v>>30) * 0xbf58476d1ce4e5b9
	v = (v ^ v>>27) * 0x94d049bb133111eb
	return v ^ v>>31
}
