package physics

// Handbook is a row of a handbook table: a value in coherent SI, the range the trade meets, and where it comes from.
type Handbook struct {
	Value     float64
	Low, High float64 // 0, 0 where the value hardly varies
	Source    string
}

const (
	crc      = "CRC Handbook of Chemistry and Physics, properties of the elements"
	asm      = "ASM Metals Handbook, typical values"
	plastics = "common plastics data sheets, typical values"
	timber   = "USDA Wood Handbook, air-dry"
	trade    = "common trade values"
)

// materials are densities at 20 °C (ice at 0 °C) in kg/m³.
var materials = map[string]Handbook{
	"aluminium":       {2700, 0, 0, crc},
	"brass":           {8500, 8400, 8730, asm},
	"copper":          {8960, 0, 0, crc},
	"lead":            {11340, 0, 0, crc},
	"steel":           {7850, 7750, 7870, asm},
	"stainless_steel": {8000, 7700, 8030, asm},
	"titanium":        {4510, 0, 0, crc},
	"zinc":            {7140, 0, 0, crc},
	"glass":           {2500, 2400, 2800, trade},
	"acrylic":         {1190, 1170, 1200, plastics},
	"pvc":             {1400, 1300, 1450, plastics},
	"abs":             {1050, 1020, 1080, plastics},
	"hdpe":            {955, 941, 970, plastics},
	"nylon":           {1140, 1120, 1160, plastics},
	"pine":            {500, 400, 600, timber},
	"oak":             {700, 600, 900, timber},
	"cork":            {200, 120, 240, trade},
	"candle_wax":      {900, 880, 940, trade},
	"foam_pe":         {30, 20, 60, trade},
	"foam_xps":        {33, 28, 45, trade},
	"ice":             {917, 0, 0, crc},
}

func densityTable(rows map[string]Handbook) *Function {
	return lookup("density(material)", "handbook density of a named material at 20 °C", "handbook table, a source beside each row", density, rows)
}
