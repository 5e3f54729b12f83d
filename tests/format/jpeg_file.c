/* jpeg_file FROM TO: strips one picture, for programs that look at the result (jpeg_outside.sh). */
#include <stdio.h>

#include "format/jpeg.h"

#define ROOM 1000000

int main(int count, char **argument)
{
    static unsigned char from[ROOM], to[ROOM];
    FILE *in = count == 3 ? fopen(argument[1], "rb") : NULL, *out = in ? fopen(argument[2], "wb") : NULL;
    size_t length, kept = 0;
    struct jpeg_size size;
    struct fault fault = {0};

    if (!in || !out)
        return 2;
    length = fread(from, 1, sizeof from, in);
    if (jpeg_strip(from, length, to, &kept, &size, &fault)) {
        fprintf(stderr, "%s\n", fault.item[0].detail);
        return 1;
    }
    fclose(in);
    return fwrite(to, 1, kept, out) == kept && fclose(out) == 0 ? 0 : 2;
}
