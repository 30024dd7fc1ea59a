package figure

// Within draws the figure on axes that hold other states of it as well, so that they stand still from one state to the
// next. A scene that no charts made stays as it is.
func (s Scene) Within(style Style, others []Scene) Scene {
	if len(s.Charts) == 0 {
		return s
	}
	charts := make([]*Chart, len(s.Charts))
	for i, c := range s.Charts {
		x, y := c.spans()
		for _, other := range others {
			if i < len(other.Charts) {
				ox, oy := other.Charts[i].spans()
				x.hold(ox.from, ox.to)
				y.hold(oy.from, oy.to)
			}
		}
		held := *c
		held.X.From, held.X.To, held.Y.From, held.Y.To = x.from, x.to, y.from, y.to
		charts[i] = &held
	}
	scene := Stack(style, charts...)
	scene.Name, scene.Title = s.Name, s.Title
	return scene
}
