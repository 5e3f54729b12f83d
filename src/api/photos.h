/* photos.h - photos over HTTP. */
#ifndef TIDEMARK_API_PHOTOS_H
#define TIDEMARK_API_PHOTOS_H

#include <stdio.h>

#include "api/request.h"
#include "api/shape.h"

extern const struct shape photo_shape;
extern const struct shape photos_ask_shape;
extern const struct shape photos_answer_shape;

int photos_get(struct request *request, struct reply *reply, struct fault *fault);
int photos_post(struct request *request, struct reply *reply, struct fault *fault);
int photo_get(struct request *request, struct reply *reply, struct fault *fault);
int photo_delete(struct request *request, struct reply *reply, struct fault *fault);

/* Room for a picture of PHOTO_BYTES_MOST in base64 and what stands around it. */
#define PHOTO_BODY_MOST ((size_t)700 << 10)

#endif
