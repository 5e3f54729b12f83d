/* ical.c - calendars, built and escaped by libical. */
#include "format/ical.h"

#include <libical/ical.h>
#include <stdlib.h>
#include <string.h>

#include "calc/days.h"

static icaltimetype date_of(int32_t day)
{
    struct civil civil = days_to_civil(day);
    icaltimetype date = icaltime_null_date();

    date.year = civil.year;
    date.month = civil.month;
    date.day = civil.day;
    return date;
}

/* NULL takes nothing in: what libical could not make is out of memory, and is noticed at the end. */
static void add(icalcomponent *to, icalproperty *property, bool *failed)
{
    if (property)
        icalcomponent_add_property(to, property);
    else
        *failed = true;
}

/* RFC 5545 (2009), 3.6.6: what is shown, and when, counted from the event's beginning. */
static void add_alarm(icalcomponent *event, const struct ical_event *told, bool *failed)
{
    icalcomponent *alarm = icalcomponent_new_valarm();

    if (!alarm) {
        *failed = true;
        return;
    }
    add(alarm, icalproperty_new_action(ICAL_ACTION_DISPLAY), failed);
    add(alarm, icalproperty_new_description(told->summary), failed);
    add(alarm, icalproperty_new_trigger(icaltriggertype_from_int(told->alarm_s)), failed);
    icalcomponent_add_component(event, alarm);
}

static icalcomponent *event_of(const struct ical_event *event, int64_t stamp_ms, bool *failed)
{
    icalcomponent *component = icalcomponent_new_vevent();

    if (!component)
        return NULL;
    add(component, icalproperty_new_uid(event->uid), failed);
    add(component, icalproperty_new_dtstamp(icaltime_from_timet_with_zone((time_t)(stamp_ms / 1000), 0, icaltimezone_get_utc_timezone())),
        failed);
    add(component, icalproperty_new_dtstart(date_of(event->first)), failed);
    add(component, icalproperty_new_dtend(date_of(event->last + 1)), failed); /* the first day after it */
    add(component, icalproperty_new_summary(event->summary), failed);
    add(component, icalproperty_new_transp(ICAL_TRANSP_TRANSPARENT), failed);
    if (event->description)
        add(component, icalproperty_new_description(event->description), failed);
    if (event->url)
        add(component, icalproperty_new_url(event->url), failed);
    if (event->alarm_s)
        add_alarm(component, event, failed);
    return component;
}

static icalcomponent *calendar_of(const char *name, bool *failed)
{
    icalcomponent *calendar = icalcomponent_new_vcalendar();
    icalproperty *often, *called;

    if (!calendar)
        return NULL;
    add(calendar, icalproperty_new_version("2.0"), failed);
    add(calendar, icalproperty_new_prodid("-//Tidemark//garden calendar//EN"), failed);
    add(calendar, icalproperty_new_name(name), failed);
    called = icalproperty_new_x(name); /* what programs read that do not know RFC 7986 */
    if (called)
        icalproperty_set_x_name(called, "X-WR-CALNAME");
    add(calendar, called, failed);
    often = icalproperty_new_refreshinterval(icaldurationtype_from_int(12 * 3600));
    if (often)
        icalproperty_add_parameter(often, icalparameter_new_value(ICAL_VALUE_DURATION));
    add(calendar, often, failed);
    return calendar;
}

char *ical_write(const char *name, const struct ical_event *events, size_t count, int64_t stamp_ms, struct fault *fault)
{
    bool failed = false;
    icalcomponent *calendar = calendar_of(name, &failed);
    char *text = NULL, *copy = NULL;

    for (size_t i = 0; calendar && i < count; i++) {
        icalcomponent *event = event_of(&events[i], stamp_ms, &failed);

        if (event)
            icalcomponent_add_component(calendar, event);
        failed |= !event;
    }
    if (calendar && !failed)
        text = icalcomponent_as_ical_string_r(calendar);
    if (text) { /* libical's memory is its own; what leaves here is freed by free */
        copy = malloc(strlen(text) + 1);
        if (copy)
            strcpy(copy, text);
        icalmemory_free_buffer(text);
    }
    if (calendar)
        icalcomponent_free(calendar);
    if (!copy)
        fault_add(fault, FAULT_MEMORY, "", "out of memory");
    return copy;
}
