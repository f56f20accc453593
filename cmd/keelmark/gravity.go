package main

import (
	"math"

	"github.com/spf13/cobra"

	"keelmark/labs/physics"
)

// gravityFlags are the two ways to say what g is.
type gravityFlags struct {
	g, latitude float64 // m/s²; degrees
}

func (f *gravityFlags) add(cmd *cobra.Command) {
	cmd.Flags().Float64Var(&f.g, "gravity", physics.Gravity, "g in m/s²")
	cmd.Flags().Float64Var(&f.latitude, "latitude", 0, "take g from the WGS 84 formula at this latitude in degrees")
}

// value is g in m/s², 0.1 to 30. Both flags at once, and what lies outside their ranges, are wrong use.
func (f *gravityFlags) value(cmd *cobra.Command) (float64, error) {
	if cmd.Flags().Changed("latitude") {
		if cmd.Flags().Changed("gravity") {
			return 0, usagef("--gravity and --latitude both give g; keep one")
		}
		g, err := physics.NormalGravity(f.latitude * math.Pi / 180)
		if err != nil {
			return 0, usagef("--latitude: %w", err)
		}
		return g, nil
	}
	if !(f.g >= 0.1 && f.g <= 30) {
		return 0, usagef("--gravity %v: want g in m/s², 0.1 to 30", f.g)
	}
	return f.g, nil
}
