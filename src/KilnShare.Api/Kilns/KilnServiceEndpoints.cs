using FluentValidation;
using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Kilns;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using NodaTime;

namespace KilnShare.Api.Kilns;

/// <summary>Whether a kiln may be used.</summary>
public sealed record KilnServiceContract
{
    /// <summary>Why it may not be used; null while it may.</summary>
    /// <example>two elements are worn out</example>
    public required string? OutOfServiceReason { get; init; }
}

/// <summary>Taking kilns out of service and back.</summary>
public static class KilnServiceEndpoints
{
    /// <summary>Maps the route.</summary>
    public static void MapKilnService(this RouteGroupBuilder studio) => studio.MapPut("/kilns/{kilnId:guid}/service", Write)
        .WithTags("Kilns").WithName("writeKilnService").Answers<KilnServiceContract>().Refuses(409);

    /// <summary>Take a kiln out of service, or back</summary>
    /// <remarks>Out of service, no firing is planned, opened or lit in it; what is planned stays for its people to move.</remarks>
    private static async Task<IResult> Write(Guid kilnId, KilnServiceContract body, Caller caller, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        if (await db.FindAsync<Kiln>([caller.StudioId, new Id<Kiln>(kilnId)], cancellation) is not { ArchivedAt: null } kiln) return Problems.Absent();
        kiln.OutOfServiceReason = body.OutOfServiceReason;
        kiln.Version++;
        Trail.Note(db, caller.StudioId, caller.MemberId, body.OutOfServiceReason is null ? "kilns.in-service" : "kilns.out-of-service", kilnId, clock);
        await db.SaveChangesAsync(cancellation);
        return TypedResults.Ok(body);
    }

    /// <summary>The refusal of a kiln that is out of service; null while it may be used.</summary>
    internal static Refusal? CheckService(Kiln kiln) => kiln.OutOfServiceReason is { } reason
        ? Refusal.Conflict(
            "kilns.out-of-service", $"{kiln.Making.Name} is out of service: {reason}. Use another kiln, or ask a technician to put it back.", "/kilnId") : null;
}

internal sealed class KilnServiceValidator : AbstractValidator<KilnServiceContract>
{
    public KilnServiceValidator() => RuleFor(s => s.OutOfServiceReason).OptionalLine(StudioLimits.MaxNote);
}
