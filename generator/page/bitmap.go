package page

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"image"
	"image/color"
	_ "image/jpeg" // the formats of Image
	_ "image/png"
)

// A bitmap is an Image ready for the PDF.
type bitmap struct {
	key   string
	res   string // its name in the pages' resources
	w, h  int
	dict  string // colour space and filter
	data  []byte
	alpha []byte // compressed opacity, nil: opaque
}

// MaxImageBytes and maxImageDots are the limits of an Image: bytes of its file, and dots.
const (
	MaxImageBytes = 8 << 20
	maxImageDots  = 24 << 20
)

// bitmap reads an image, once a document. A JPEG in grey or the usual colours goes into the PDF as it is.
func (s *setter) bitmap(b Image) (*bitmap, error) {
	key := fmt.Sprintf("%x %d", hash(string(b.Data)), len(b.Data))
	for _, bm := range s.bitmaps {
		if bm.key == key {
			return bm, nil
		}
	}
	if len(b.Data) > MaxImageBytes {
		return nil, fmt.Errorf("image %s has %d bytes; at most %d MiB are allowed", b.File, len(b.Data), MaxImageBytes>>20)
	}
	cfg, kind, err := image.DecodeConfig(bytes.NewReader(b.Data))
	if err != nil {
		return nil, fmt.Errorf("image %s is neither PNG nor JPEG: %w", b.File, err)
	}
	if cfg.Width < 1 || cfg.Height < 1 || cfg.Width > maxImageDots/cfg.Height {
		return nil, fmt.Errorf("image %s has %d × %d dots; at most 24 million are allowed", b.File, cfg.Width, cfg.Height)
	}
	img, _, err := image.Decode(bytes.NewReader(b.Data))
	if err != nil {
		return nil, fmt.Errorf("image %s: %w", b.File, err)
	}
	bm := &bitmap{key: key, res: fmt.Sprintf("I%d", len(s.bitmaps)), w: cfg.Width, h: cfg.Height}
	switch {
	case kind == "jpeg" && cfg.ColorModel == color.YCbCrModel:
		bm.dict, bm.data = "/ColorSpace /DeviceRGB /Filter /DCTDecode ", b.Data
	case kind == "jpeg" && cfg.ColorModel == color.GrayModel:
		bm.dict, bm.data = "/ColorSpace /DeviceGray /Filter /DCTDecode ", b.Data
	default:
		bm.setDots(img)
	}
	s.bitmaps = append(s.bitmaps, bm)
	return bm, nil
}

// setDots stores colours and, where any dot is not opaque, the opacity.
func (bm *bitmap) setDots(img image.Image) {
	r := img.Bounds()
	colours, alpha := make([]byte, 0, 3*bm.w*bm.h), make([]byte, 0, bm.w*bm.h)
	opaque := true
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			c := color.NRGBAModel.Convert(img.At(x, y)).(color.NRGBA)
			colours = append(colours, c.R, c.G, c.B)
			alpha = append(alpha, c.A)
			opaque = opaque && c.A == 255
		}
	}
	bm.dict, bm.data = "/ColorSpace /DeviceRGB /Filter /FlateDecode ", deflated(colours, zlib.DefaultCompression)
	if !opaque {
		bm.alpha = deflated(alpha, zlib.DefaultCompression)
	}
}

// addBitmaps writes the document's bitmaps and returns their entries in the resources.
func (f *finisher) addBitmaps() string {
	entries := ""
	for _, bm := range f.s.bitmaps {
		dict := fmt.Sprintf("/Type /XObject /Subtype /Image /Width %d /Height %d /BitsPerComponent 8 ", bm.w, bm.h)
		mask := ""
		if bm.alpha != nil {
			mask = fmt.Sprintf("/SMask %d 0 R ", f.addStream(dict+"/ColorSpace /DeviceGray /Filter /FlateDecode ", bm.alpha))
		}
		entries += fmt.Sprintf("/%s %d 0 R\n", bm.res, f.addStream(dict+bm.dict+mask, bm.data))
	}
	return entries
}

// bitmap paints an image into the rectangle with its top left corner at x, y.
func (p *pen) bitmap(bm *bitmap, x, y, w, h float64) {
	p.buf = append(p.buf, "q "...)
	for _, v := range []float64{w, 0, 0, h} {
		p.num(v)
	}
	p.xy(x, y+h)
	p.op("cm /" + bm.res + " Do Q")
}
