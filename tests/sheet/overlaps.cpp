#include "sheet/overlaps.hpp"

#include <variant>
#include <vector>

#include "sheet/paper_geometry.hpp"

namespace swingtie {
namespace {

struct Word {
  const Object* object;
  const Text* text;
  TurnedBox box;
};

struct Stroke {
  const Object* object;
  PaperPoint a, b;
  double half_width;
};

TurnedBox box_of(const Text& text) {
  const auto c = outline(text);
  return {0.5 * (c[0] + c[2]), text.width / 2, (text.ascent + text.descent) / 2, text.rotation};
}

void add_strokes(std::vector<Stroke>& to, const Object& object, const Path& path) {
  const double half = path.pen ? path.pen->width / 2 : 0;
  PaperPoint start, last;
  std::size_t p = 0;
  for (const Path::Verb verb : path.verbs) {
    switch (verb) {
      case Path::Verb::move:
        start = last = path.points[p++];
        break;
      case Path::Verb::line:
        to.push_back({&object, last, path.points[p], half});
        last = path.points[p++];
        break;
      case Path::Verb::cubic:
        for (int k = 1; k <= 6; ++k) {
          const double t = k / 6.0, u = 1 - t;
          const PaperPoint q = u * u * u * last + 3 * u * u * t * path.points[p] +
                               3 * u * t * t * path.points[p + 1] + t * t * t * path.points[p + 2];
          const PaperPoint before = to.empty() || k == 1 ? last : to.back().b;
          to.push_back({&object, before, q, half});
        }
        last = path.points[p + 2];
        p += 3;
        break;
      case Path::Verb::close:
        to.push_back({&object, last, start, half});
        last = start;
        break;
    }
  }
}

}  // namespace

Overlaps overlaps(const Sheet& sheet) {
  std::vector<Word> words;
  std::vector<Stroke> route, symbols, leaders;
  for (const Layer& layer : sheet.layers) {
    for (const Object& object : layer.objects) {
      for (const Mark& mark : object.marks) {
        if (const auto* text = std::get_if<Text>(&mark); text && !text->string.empty())
          words.push_back({&object, text, box_of(*text)});
        if (const auto* path = std::get_if<Path>(&mark)) {
          if (object.role == Role::route) add_strokes(route, object, *path);
          if (object.role == Role::symbol) add_strokes(symbols, object, *path);
          if (object.role == Role::leader) add_strokes(leaders, object, *path);
        }
      }
    }
  }
  Overlaps out;
  const auto blame = [&](const std::string& what) {
    if (out.first.empty()) out.first = what;
  };
  for (std::size_t i = 0; i < words.size(); ++i) {
    for (std::size_t j = i + 1; j < words.size(); ++j) {
      const double area = overlap_area(words[i].box, words[j].box);
      if (area < 1e-6) continue;
      out.words += area;
      blame("`" + words[i].text->string + "` (" + words[i].object->id + ") and `" + words[j].text->string + "` (" +
            words[j].object->id + ")");
    }
  }
  for (const Word& word : words) {
    if (word.object->role != Role::label) continue;
    const auto hits = [&](const std::vector<Stroke>& strokes, int& count, bool own_leader) {
      for (const Stroke& s : strokes) {
        if (own_leader && s.object->id == word.object->id + "-leader") continue;
        if (!overlap(word.box.grown(s.half_width), s.a, s.b)) continue;
        ++count;
        blame("`" + word.text->string + "` (" + word.object->id + ") and " + s.object->id);
      }
    };
    hits(route, out.route, false);
    hits(symbols, out.symbols, false);
    hits(leaders, out.leaders, true);
  }
  for (std::size_t i = 0; i < leaders.size(); ++i) {
    for (std::size_t j = i + 1; j < leaders.size(); ++j) {
      if (!segments_cross(leaders[i].a, leaders[i].b, leaders[j].a, leaders[j].b)) continue;
      ++out.leaders;
      blame(leaders[i].object->id + " and " + leaders[j].object->id);
    }
  }
  return out;
}

}  // namespace swingtie
