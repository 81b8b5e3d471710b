using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Api.Energy;
using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Storage;

namespace KilnShare.Api.Firings;

/// <summary>A firing as a picture.</summary>
public static class CurveEndpoints
{
    private const string MediaType = "image/svg+xml";
    private const int MostPoints = 600;

    /// <summary>Maps the routes.</summary>
    public static void MapCurves(this RouteGroupBuilder studio) => studio.MapGet("/firings/{firingId:guid}/curve.svg", Read)
        .WithTags("Firings").WithName("readFiringCurve").Produces(StatusCodes.Status200OK, contentType: MediaType).Refuses(400, 401, 403, 404, 422, 429);

    /// <summary>Read a firing's curve as a picture</summary>
    /// <remarks>Schedule against log, key temperatures, and the progress of the target cone and its neighbours; in °C, or °F with unit=fahrenheit.</remarks>
    private static async Task<IResult> Read(
        Guid firingId, Caller caller, HttpContext context, KilnShareDb db, LearntKilns memory, QueryWord<LogUnit>? unit, CancellationToken cancellation)
    {
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing) return Problems.Absent();
        var log = await FiringLog.Read(db, firing, cancellation);
        var measured = log.ToCurve().TryGet(out var curve, out _) ? curve.History : null;
        var planned = await ProgressEndpoints.PlanOf(db, memory, firing, cancellation);
        if (measured is null && planned is null)
            return Problems.Of(Refusal.Rule("firings.nothing-to-draw", "This firing has neither a schedule nor a log yet. Name a schedule, or send readings."));
        if (!FiringCurve.Of(measured, planned, firing.Aim.Series, ConesOf(firing.Aim), MostPoints).TryGet(out var drawn, out var refusal))
            return Problems.Of(refusal);
        context.Response.Headers.ContentSecurityPolicy = "default-src 'none'; style-src 'unsafe-inline'";
        return Results.Text(CurvePicture.Draw(drawn, firing.Aim, unit?.Value ?? LogUnit.Celsius), MediaType, System.Text.Encoding.UTF8);
    }

    /// <summary>The target and its neighbours, as a pack of three cones stands; none where the series does not tell how its cones answer to heat.</summary>
    private static IReadOnlyList<Cone> ConesOf(FiringAim aim)
    {
        var whole = ConeKinetics.OfSeries(aim.Series).Select(k => k.Cone).Where(c => c == aim.Cone || !c.Name.Contains('.', StringComparison.Ordinal)).ToList();
        return whole.IndexOf(aim.Cone) is var place and >= 0 ? whole[Math.Max(0, place - 1)..Math.Min(whole.Count, place + 2)] : [];
    }
}
