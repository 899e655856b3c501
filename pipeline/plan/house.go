package plan

import "trenchcut/tags"

// The ladders a house picture is taken from, so that one odd film does not make a reel
// of a size or a rate that no player expects.
var (
	sizeLadder = []struct{ width, height int }{{640, 360}, {960, 540}, {1280, 720}, {1920, 1080}}
	rateLadder = []tags.Rate{
		{Num: 24000, Den: 1001},
		{Num: 24, Den: 1},
		{Num: 25, Den: 1},
		{Num: 30000, Den: 1001},
		{Num: 30, Den: 1},
		{Num: 50, Den: 1},
		{Num: 60000, Den: 1001},
		{Num: 60, Den: 1},
	}
)

// HouseFor is the smallest size that holds the largest of the films without making it
// smaller, and the slowest rate that shows every frame of the fastest; the top of each
// ladder bounds both. It goes by all films of the games named, never by the choice, so
// that segments keep their keys from reel to reel. What the recipe says comes first.
//
// A tall or square picture is as wide as the ladder's next rung is tall, 1080 for film of
// 720 lines, so that film in it loses little of its width; a size that the recipe says
// counts by its shorter side.
func HouseFor(films []Source, r Recipe) House {
	house := House{Width: sizeLadder[0].width, Height: sizeLadder[0].height, Rate: rateLadder[0]}
	for _, f := range films {
		for _, rung := range sizeLadder {
			if house.Width < f.Width || house.Height < f.Height {
				house.Width, house.Height = max(house.Width, rung.width), max(house.Height, rung.height)
			}
		}
		for _, rung := range rateLadder {
			if house.Rate.FPS() < f.Rate.FPS() && house.Rate.FPS() < rung.FPS() {
				house.Rate = rung
			}
		}
	}
	switch {
	case r.Width > 0:
		house.Width, house.Height = r.Width, r.Height
	case r.Shape.narrow():
		for i, rung := range sizeLadder {
			if rung.height == house.Height {
				house.Height = sizeLadder[min(i+1, len(sizeLadder)-1)].height
				break
			}
		}
	}
	house = r.Shape.of(house)
	if r.Rate.Known() {
		house.Rate = r.Rate
	}
	return house
}
