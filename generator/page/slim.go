package page

import "encoding/binary"

// slim drops from a TrueType file what a PDF does not need: hinting programs and names. It makes embedded faces smaller
// by about half; printers and screens of today draw the outlines as they are. A file it does not understand is returned
// as it came.
func slim(ttf []byte) []byte {
	tables := tablesOf(ttf)
	head, loca, glyf := tables["head"], tables["loca"], tables["glyf"]
	if len(head) < 52 || loca == nil || glyf == nil {
		return ttf
	}
	long := binary.BigEndian.Uint16(head[50:]) == 1
	at := func(i int) int {
		if long {
			return int(binary.BigEndian.Uint32(loca[4*i:]))
		}
		return 2 * int(binary.BigEndian.Uint16(loca[2*i:]))
	}
	n := len(loca)/2 - 1
	if long {
		n = len(loca)/4 - 1
	}
	newGlyf := make([]byte, 0, len(glyf))
	newLoca := make([]byte, 0, 4*n+4)
	for i := range n {
		newLoca = binary.BigEndian.AppendUint32(newLoca, uint32(len(newGlyf)))
		from, to := at(i), at(i+1)
		if from > to || to > len(glyf) {
			return ttf
		}
		newGlyf = append(newGlyf, unhinted(glyf[from:to])...)
		for len(newGlyf)%4 != 0 {
			newGlyf = append(newGlyf, 0)
		}
	}
	newLoca = binary.BigEndian.AppendUint32(newLoca, uint32(len(newGlyf)))
	newHead := append([]byte(nil), head...)
	binary.BigEndian.PutUint16(newHead[50:], 1)
	tables["head"], tables["loca"], tables["glyf"] = newHead, newLoca, newGlyf
	for _, tag := range []string{"fpgm", "prep", "cvt ", "gasp", "name", "OS/2"} {
		delete(tables, tag)
	}
	return assemble(tables)
}

// tablesOf takes a TrueType file apart.
func tablesOf(ttf []byte) map[string][]byte {
	tables := map[string][]byte{}
	if len(ttf) < 12 {
		return tables
	}
	n := int(binary.BigEndian.Uint16(ttf[4:]))
	for i := 0; i < n && 12+16*i+16 <= len(ttf); i++ {
		e := ttf[12+16*i:]
		tag, off, size := string(e[:4]), int(binary.BigEndian.Uint32(e[8:])), int(binary.BigEndian.Uint32(e[12:]))
		if off+size <= len(ttf) {
			tables[tag] = ttf[off : off+size]
		}
	}
	return tables
}

// assemble writes a TrueType file of tables, in the order of their tags.
func assemble(tables map[string][]byte) []byte {
	n := len(tables)
	out := binary.BigEndian.AppendUint32(nil, 0x00010000)
	power, log := 1, 0
	for power*2 <= n {
		power, log = power*2, log+1
	}
	for _, v := range []int{n, power * 16, log, (n - power) * 16} {
		out = binary.BigEndian.AppendUint16(out, uint16(v))
	}
	off := 12 + 16*n
	var body []byte
	for _, tag := range sortedKeys(tables) {
		t := tables[tag]
		out = append(out, tag...)
		out = binary.BigEndian.AppendUint32(out, checksum(t))
		out = binary.BigEndian.AppendUint32(out, uint32(off+len(body)))
		out = binary.BigEndian.AppendUint32(out, uint32(len(t)))
		body = append(body, t...)
		for len(body)%4 != 0 {
			body = append(body, 0)
		}
	}
	return append(out, body...)
}

func checksum(t []byte) uint32 {
	var sum uint32
	for i := 0; i < len(t); i += 4 {
		var w [4]byte
		copy(w[:], t[i:])
		sum += binary.BigEndian.Uint32(w[:])
	}
	return sum
}

// unhinted is a glyph without its instructions (OpenType specification, table glyf).
func unhinted(g []byte) []byte {
	if len(g) < 12 {
		return g
	}
	contours := int(int16(binary.BigEndian.Uint16(g)))
	if contours >= 0 {
		at := 10 + 2*contours
		if at+2 > len(g) {
			return g
		}
		size := int(binary.BigEndian.Uint16(g[at:]))
		if at+2+size > len(g) {
			return g
		}
		out := append([]byte(nil), g[:at]...)
		return append(append(out, 0, 0), g[at+2+size:]...)
	}
	return withoutInstructions(g)
}

// withoutInstructions cuts a composite glyph off after its last component.
func withoutInstructions(g []byte) []byte {
	const (
		wordArgs, scale, more, xyScale, matrix, instructions = 1, 8, 0x20, 0x40, 0x80, 0x100
	)
	out := append([]byte(nil), g...)
	for at := 10; at+4 <= len(out); {
		flags := binary.BigEndian.Uint16(out[at:])
		binary.BigEndian.PutUint16(out[at:], flags&^instructions)
		at += 6
		if flags&wordArgs != 0 {
			at += 2
		}
		switch {
		case flags&scale != 0:
			at += 2
		case flags&xyScale != 0:
			at += 4
		case flags&matrix != 0:
			at += 8
		}
		if flags&more == 0 {
			return out[:min(at, len(out))]
		}
	}
	return g
}
