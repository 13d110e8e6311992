#include "draw/picture.hpp"

#include <csetjmp>
#include <cstdio>
#include <cstring>
#include <stdexcept>

#include <jpeglib.h>

#include "draw/cairo_page.hpp"

namespace swingtie {
namespace {

struct JpegFailure {
  jpeg_error_mgr manager;
  std::jmp_buf back;
};

[[noreturn]] void jpeg_fails(j_common_ptr info) {
  std::longjmp(reinterpret_cast<JpegFailure*>(info->err)->back, 1);
}
void jpeg_says_nothing(j_common_ptr) {}

/// Decodes into an RGB24 surface; false when the bytes are not a JPEG that libjpeg reads.
bool decode_jpeg(const std::string& bytes, cairo_surface_t* surface) {
  jpeg_decompress_struct info{};
  JpegFailure failure{};
  info.err = jpeg_std_error(&failure.manager);
  failure.manager.error_exit = jpeg_fails;
  failure.manager.output_message = jpeg_says_nothing;
  if (setjmp(failure.back) != 0) {
    jpeg_destroy_decompress(&info);
    return false;
  }
  jpeg_create_decompress(&info);
  jpeg_mem_src(&info, reinterpret_cast<const unsigned char*>(bytes.data()), bytes.size());
  jpeg_read_header(&info, TRUE);
  // Four bytes a pixel, blue first, as Cairo keeps them on little-endian machines.
  info.out_color_space = JCS_EXT_BGRX;
  jpeg_start_decompress(&info);
  cairo_surface_flush(surface);
  unsigned char* pixels = cairo_image_surface_get_data(surface);
  const int stride = cairo_image_surface_get_stride(surface);
  const bool fits = static_cast<int>(info.output_width) == cairo_image_surface_get_width(surface) &&
                    static_cast<int>(info.output_height) == cairo_image_surface_get_height(surface);
  while (fits && info.output_scanline < info.output_height) {
    JSAMPROW row = pixels + static_cast<std::ptrdiff_t>(info.output_scanline) * stride;
    jpeg_read_scanlines(&info, &row, 1);
  }
  if (fits) jpeg_finish_decompress(&info);
  jpeg_destroy_decompress(&info);
  cairo_surface_mark_dirty(surface);
  return fits;
}

struct Reader {
  const std::string* bytes;
  std::size_t at = 0;
};

cairo_status_t read_png(void* closure, unsigned char* to, unsigned int length) {
  auto* reader = static_cast<Reader*>(closure);
  if (reader->at + length > reader->bytes->size()) return CAIRO_STATUS_READ_ERROR;
  std::memcpy(to, reader->bytes->data() + reader->at, length);
  reader->at += length;
  return CAIRO_STATUS_SUCCESS;
}

}  // namespace

cairo_surface_t* picture_surface(const Image& image, bool as_it_is) {
  if (image.format == Image::Format::png) {
    Reader reader{image.bytes.get()};
    cairo_surface_t* surface = cairo_image_surface_create_from_png_stream(read_png, &reader);
    check(cairo_surface_status(surface), "reading a PNG picture");
    return surface;
  }
  cairo_surface_t* surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, image.pixels_wide, image.pixels_high);
  check(cairo_surface_status(surface), "making room for a JPEG picture");
  if (as_it_is) {
    auto* copy = new std::shared_ptr<const std::string>(image.bytes);
    check(cairo_surface_set_mime_data(
              surface, CAIRO_MIME_TYPE_JPEG, reinterpret_cast<const unsigned char*>((*copy)->data()), (*copy)->size(),
              [](void* bytes) { delete static_cast<std::shared_ptr<const std::string>*>(bytes); }, copy),
          "handing a JPEG picture on");
  } else if (!decode_jpeg(*image.bytes, surface)) {
    cairo_surface_destroy(surface);
    throw std::runtime_error("a JPEG picture cannot be read");
  }
  return surface;
}

}  // namespace swingtie
