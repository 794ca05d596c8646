package web

import (
	"fmt"
	"html/template"
	"strings"

	"github.com/boombuler/barcode/qr"
)

// quiet is the white rim that the standard asks for, in modules (ISO/IEC 18004).
const quiet = 4

// qrCode draws a text as a QR code: one path, black on white whatever the page's colours are.
func qrCode(text string) (template.HTML, error) {
	code, err := qr.Encode(text, qr.M, qr.Auto)
	if err != nil {
		return "", fmt.Errorf("drawing the code: %w", err)
	}
	n := code.Bounds().Dx()
	var d strings.Builder
	for y := range n {
		for x := range n {
			if r, _, _, _ := code.At(x, y).RGBA(); r == 0 {
				fmt.Fprintf(&d, "M%d %dh1v1h-1z", x+quiet, y+quiet)
			}
		}
	}
	size := n + 2*quiet
	return template.HTML(fmt.Sprintf(`<svg viewBox="0 0 %d %d" width="260" height="260" role="img" aria-label="The address and the code as a picture for the phone's camera"><rect width="%d" height="%d" fill="#FFFFFF"/><path d="%s" fill="#000000"/></svg>`,
		size, size, size, size, d.String())), nil
}
