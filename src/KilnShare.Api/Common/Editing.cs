using System.Diagnostics.CodeAnalysis;
using FluentValidation;
using KilnShare.Api.Access;
using KilnShare.Core.Common;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Common;

/// <summary>What an edit asks for, or the answer that refuses it.</summary>
public sealed record Edit<T>(T? Body, IResult? Refused)
    where T : class
{
    /// <summary>True with what is asked for, or false with the refusal.</summary>
    public bool TryGet([NotNullWhen(true)] out T? body, [NotNullWhen(false)] out IResult? refused)
    {
        (body, refused) = (Body, Refused);
        return refused is null;
    }
}

/// <summary>Editing and putting away, the same for all resources: the version asked for, the patch, the validator, the next version.</summary>
public sealed class Editing(KilnShareDb db, IServiceProvider services, IClock clock)
{
    /// <summary>The thing as its patch would have it.</summary>
    /// <param name="context">The request, for its If-Match.</param>
    /// <param name="thing">The thing as it is stored.</param>
    /// <param name="contract">The thing as a contract.</param>
    /// <param name="patch">What to change.</param>
    /// <param name="cancellation">Stops it.</param>
    public async Task<Edit<T>> Read<T>(HttpContext context, IEditable thing, T contract, MergePatch patch, CancellationToken cancellation)
        where T : class
    {
        if (Versions.Check(context, thing.Version) is { } stale) return new Edit<T>(null, stale);
        var wanted = patch.MergeInto(contract);
        var result = await services.GetRequiredService<IValidator<T>>().ValidateAsync(wanted, cancellation);
        return result.IsValid ? new Edit<T>(wanted, null) : new Edit<T>(null, Problems.Of(result));
    }

    /// <summary>Stores an edited thing under its next version and answers with it; 412 where another edit was faster.</summary>
    public async Task<IResult> Save<T>(
        HttpContext context, Caller caller, IEditable thing, Guid id, string action, Func<T> answer, CancellationToken cancellation)
    {
        thing.Version++;
        Trail.Note(db, caller.StudioId, caller.MemberId, action, id, clock);
        return await Save(cancellation) ?? Versions.Ok(context, answer(), thing.Version);
    }

    /// <summary>Puts a thing away: it is listed no more, and stays readable by its id.</summary>
    public async Task<IResult> Archive(HttpContext context, Caller caller, IArchivable thing, Guid id, string action, CancellationToken cancellation)
    {
        if (Versions.Check(context, thing.Version) is { } stale) return stale;
        thing.ArchivedAt = clock.GetCurrentInstant();
        thing.Version++;
        Trail.Note(db, caller.StudioId, caller.MemberId, action, id, clock);
        return await Save(cancellation) ?? TypedResults.NoContent();
    }

    /// <summary>Saves; the refusal where another edit was faster, with the version that one left.</summary>
    private async Task<IResult?> Save(CancellationToken cancellation)
    {
        try
        {
            await db.SaveChangesAsync(cancellation);
            return null;
        }
        catch (DbUpdateConcurrencyException e)
        {
            var present = e.Entries.Count == 0 ? null : await e.Entries[0].GetDatabaseValuesAsync(cancellation);
            return Versions.Stale(
                present?.Properties.Any(p => p.Name == nameof(IEditable.Version)) == true ? present.GetValue<long>(nameof(IEditable.Version)) : null);
        }
    }
}
