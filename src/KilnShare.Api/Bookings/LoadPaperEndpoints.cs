using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Api.Loading;
using KilnShare.Api.Papers;
using KilnShare.Storage;
using NodaTime;

namespace KilnShare.Api.Bookings;

/// <summary>A firing's published plan as a picture, and as a paper to load by.</summary>
public static class LoadPaperEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapLoadPapers(this RouteGroupBuilder studio)
    {
        var firing = studio.MapGroup("/firings/{firingId:guid}").WithTags("Bookings");
        firing.MapGet("/load-plan.svg", Draw).WithName("drawLoadPlan").AnswersSvg().Refuses(422);
        firing.MapGet("/load-plan.pdf", Print).WithName("printLoadPlan").AnswersPdf().Refuses(422);
    }

    /// <summary>Draw the published load plan as an SVG picture</summary>
    /// <remarks>The kiln from the front, then each shelf from above, the lowest first. Query: unit, millimetres or inches.</remarks>
    private static async Task<IResult> Draw(
        Guid firingId, QueryWord<LengthUnit>? unit, Caller caller, HttpContext context, KilnShareDb db, CancellationToken cancellation) =>
        (await FiringSheet.Read(db, caller, firingId, unit?.Value ?? LengthUnit.Millimetres, cancellation)).TryGet(out var firing, out var refusal)
            ? LoadPicture.Answer(context, firing.Sheet) : Problems.Of(refusal);

    /// <summary>Print the load sheet as a PDF</summary>
    /// <remarks>
    /// What to take out, the shelves in loading order with their plans, and what to check before lighting. Query: unit (millimetres, inches),
    /// temperature (celsius, fahrenheit).
    /// </remarks>
    private static async Task<IResult> Print(
        Guid firingId, QueryWord<LengthUnit>? unit, QueryWord<TemperatureUnit>? temperature, Caller caller, KilnShareDb db, IClock clock,
            CancellationToken cancellation)
    {
        if (!(await FiringSheet.Read(db, caller, firingId, unit?.Value ?? LengthUnit.Millimetres, cancellation)).TryGet(out var firing, out var refusal))
            return Problems.Of(refusal);
        using var paper = LoadPaper.Write(firing, temperature?.Value ?? TemperatureUnit.Celsius, clock.GetCurrentInstant());
        return paper.Answer($"load-sheet-{firingId}.pdf");
    }
}
