package forms

import (
	"bytes"
	"compress/zlib"
	"errors"
	"fmt"
	"io"

	"github.com/pdfcpu/pdfcpu/pkg/pdfcpu/model"
)

// Bounds of a form, counted before the library that reads it sees it, or given to it. A sheet as printed has some 150
// objects and 1000 names in 80 kB; the library takes seconds for 20 000 objects and minutes for a million, and some streams
// it unpacks to half a gigabyte whatever its own limits say.
const (
	maxSize     = 16 << 20 // bytes of the file
	maxObjects  = 20_000   // in the file, and in its tables
	maxNames    = 300_000  // keys of dictionaries and the like, with what looks like them in packed data
	maxPacked   = 200      // streams that pack objects
	maxUnpacked = 64 << 20 // bytes of all streams unpacked
	maxStream   = 4 << 20  // bytes unpacked of a stream that packs objects
	maxDepth    = 50       // of what is nested
	maxLayers   = 10       // of packing: a form has one
)

// vet counts what the library would work through.
func vet(pdf []byte) error {
	if len(pdf) > maxSize {
		return fmt.Errorf("it is larger than %d MB", maxSize>>20)
	}
	for _, part := range []struct {
		mark, what string
		most       int
	}{
		{" obj", "objects", maxObjects},
		{"/", "names", maxNames},
		{"/ObjStm", "streams of objects", maxPacked},
		// Ways of packing that no form needs, and that would hide what unpacks without end.
		{"/LZWDecode", "LZW streams", 0},
		{"/RunLengthDecode", "run-length streams", 0},
		{"/ASCII85Decode", "streams in base 85", 0},
		{"/ASCIIHexDecode", "streams in base 16", 0},
	} {
		if n := bytes.Count(pdf, []byte(part.mark)); n > part.most {
			return fmt.Errorf("it holds %d %s, at most %d are read", n, part.what, part.most)
		}
	}
	// A reader saves what was filled in behind the form as it was printed. Cut there, the file would read as an older one.
	end := bytes.LastIndex(pdf, []byte("%%EOF"))
	if end < 0 || bytes.Contains(pdf[end:], []byte(" obj")) {
		return errors.New("it is cut short")
	}
	return vetStreams(pdf)
}

// vetStreams unpacks every stream once, keeping nothing, and counts.
func vetStreams(pdf []byte) error {
	left := int64(maxUnpacked)
	for found := true; found && left >= 0; {
		if _, pdf, found = bytes.Cut(pdf, []byte("stream")); found {
			left -= unpacked(bytes.NewReader(bytes.TrimLeft(pdf, "\r\n")), left+1, maxLayers)
		}
	}
	if left < 0 {
		return fmt.Errorf("its streams unpack to more than %d MB", maxUnpacked>>20)
	}
	return nil
}

// unpacked is how many bytes a stream gives, counted to most, in all layers where what it gives is packed again. One of more
// layers counts as most: it may be made to give itself, without end.
func unpacked(packed io.Reader, most int64, layers int) (n int64) {
	layer, err := zlib.NewReader(packed)
	if err != nil { // not packed
		return 0
	}
	if layers == 0 {
		return most
	}
	count := &counter{from: io.LimitReader(layer, most)}
	n = unpacked(count, most, layers-1)
	_, _ = io.Copy(io.Discard, count) // a stream that is broken counts as far as it goes
	return max(n, count.n)
}

type counter struct {
	from io.Reader
	n    int64
}

func (c *counter) Read(p []byte) (int, error) {
	n, err := c.from.Read(p)
	c.n += int64(n)
	return n, err
}

// limits are the library's own.
func limits() model.ResourceLimits {
	l := model.DefaultResourceLimits()
	l.MaxStreamBytes, l.MaxDecodeBytes, l.MaxImageBytes = maxSize, maxStream, maxStream
	l.MaxObjectCount, l.MaxXRefEntries, l.MaxObjectStreamCount = maxObjects, maxObjects, maxObjects
	l.MaxObjectStreamFirst = maxStream
	l.MaxRecursionDepth = maxDepth
	return l
}
