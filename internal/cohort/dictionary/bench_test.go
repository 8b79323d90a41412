package dictionary

import (
	"fmt"
	"strings"
	"testing"
)

func BenchmarkRead(b *testing.B) {
	for _, n := range []int{10, 100, 1000} {
		list := make([]string, n)
		for i := range list {
			list[i] = fmt.Sprintf(`{"name":"m%d","unit":"W","plane":"sagittal","worthwhile":50}`, i)
		}
		path := write(b, measures(strings.Join(list, ",")))
		b.Run(fmt.Sprintf("%d measures", n), func(b *testing.B) {
			for b.Loop() {
				if _, err := Open(path, ""); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
