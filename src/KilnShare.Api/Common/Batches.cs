using FluentValidation;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Common;

/// <summary>Many things of one sort to be written down at once.</summary>
public sealed record Batch<T>
{
    /// <summary>The things, each as it would be sent by itself, in the order in which they are written.</summary>
    public required IReadOnlyList<T> Lines { get; init; }

    /// <summary>True: one line refused, and nothing is written. False: what can be written is.</summary>
    public bool AllOrNothing { get; init; } = true;
}

/// <summary>What became of a batch.</summary>
public sealed record BatchAnswer<T>
    where T : class
{
    /// <summary>How many lines were written.</summary>
    public required int Written { get; init; }

    /// <summary>The answer to each line, in their order.</summary>
    public required IReadOnlyList<BatchLine<T>> Lines { get; init; }
}

/// <summary>What became of one line of a batch.</summary>
public sealed record BatchLine<T>
    where T : class
{
    /// <summary>The HTTP status that the line would have had by itself.</summary>
    /// <example>201</example>
    public required int Status { get; init; }

    /// <summary>What was made; null where the line was refused.</summary>
    public required T? Body { get; init; }

    /// <summary>Why it was refused, with pointers into the line; null where it was written.</summary>
    public required Problem? Problem { get; init; }
}

/// <summary>Writes many things at once, each by the validator and the function of the single call.</summary>
internal static class Batches
{
    /// <summary>Most lines in a batch.</summary>
    public const int MostLines = 500;

    private const string BeforeLine = "before_line";

    /// <summary>
    /// Writes the lines one after the other in one transaction, and takes back what a refused one began. Every line is tried, so that all refusals are told.
    /// </summary>
    /// <param name="context">The request.</param>
    /// <param name="db">The studio's rows.</param>
    /// <param name="lines">The lines.</param>
    /// <param name="allOrNothing">Whether one refused line takes back all.</param>
    /// <param name="write">The single call.</param>
    /// <param name="cancellation">Stops it; nothing is written then.</param>
    public static async Task<IResult> Run<TBody, TAnswer>(
        HttpContext context, KilnShareDb db, IReadOnlyList<TBody> lines, bool allOrNothing, Func<TBody, Task<IResult>> write, CancellationToken cancellation)
        where TAnswer : class
    {
        var validator = context.RequestServices.GetRequiredService<IValidator<TBody>>();
        await using var own = db.Database.CurrentTransaction is null ? await db.Database.BeginTransactionAsync(cancellation) : null; // else the key's
        var (writing, answers) = (db.Database.CurrentTransaction!, new List<BatchLine<TAnswer>>(lines.Count));
        foreach (var line in lines)
        {
            await writing.CreateSavepointAsync(BeforeLine, cancellation);
            var answer = AnswerOf<TAnswer>(context, await Write(line));
            answers.Add(answer);
            if (answer.Problem is not null) await writing.RollbackToSavepointAsync(BeforeLine, cancellation);
            await writing.ReleaseSavepointAsync(BeforeLine, cancellation);
            db.ChangeTracker.Clear();
        }

        Versions.Answers(context, null);
        if (allOrNothing && answers.Exists(a => a.Problem is not null)) return Refuse(answers);
        if (own is not null) await own.CommitAsync(cancellation);
        return TypedResults.Ok(new BatchAnswer<TAnswer> { Written = answers.Count(a => a.Problem is null), Lines = answers });

        async Task<IResult> Write(TBody line)
        {
            var valid = await validator.ValidateAsync(line, cancellation);
            if (!valid.IsValid) return Problems.Of(valid);
            try
            {
                return await write(line);
            }
            catch (DbUpdateException e) when (RefusalIn(e) is not null)
            {
                return RefusalIn(e)!;
            }
        }
    }

    /// <summary>What a wall of the database refused; null where the database itself has failed, and with it the batch.</summary>
    private static IResult? RefusalIn(DbUpdateException failure) =>
        Postgres.IsAway(failure) ? null : Collisions.AnswerOf(failure) ?? Postgres.AnswerOf(failure, "");

    private static BatchLine<TAnswer> AnswerOf<TAnswer>(HttpContext context, IResult result)
        where TAnswer : class
    {
        var (status, value) = (((IStatusCodeHttpResult)result).StatusCode!.Value, ((IValueHttpResult)result).Value);
        var problem = value as Problem;
        return new BatchLine<TAnswer>
        {
            Status = status,
            Body = value as TAnswer,
            Problem = problem is { TraceId: "" }
            ? problem with { TraceId = context.TraceIdentifier } : problem
        };
    }

    private static IResult Refuse<TAnswer>(List<BatchLine<TAnswer>> answers)
        where TAnswer : class
    {
        var refused = answers.Count(a => a.Problem is not null);
        return Problems.Answer(
            StatusCodes.Status422UnprocessableEntity, "request.batch-refused",
            $"{(refused == 1 ? "A line was" : $"{refused} lines were")} refused, so none of the {answers.Count} was written. Put right what errors names and "
                + $"send the batch again, or send allOrNothing false to write the others.",
            null, [.. answers.SelectMany((a, line) => ErrorsOf(a.Problem, line))], null);
    }

    private static IEnumerable<FieldProblem> ErrorsOf(Problem? problem, int line) => problem is null ? []
        : (problem.Errors ?? [new FieldProblem { Pointer = problem.Pointer ?? "", Code = problem.Code, Detail = problem.Detail }])
            .Select(e => e with { Pointer = $"/lines/{line}{e.Pointer}" });
}

/// <summary>How many lines a batch takes.</summary>
internal abstract class BatchValidator<T> : AbstractValidator<Batch<T>>
{
    protected BatchValidator()
    {
        RuleFor(b => b.Lines).AtMost(Batches.MostLines);
        RuleFor(b => b.Lines).Must(l => l.Count > 0).WithErrorCode("request.empty").WithMessage("A batch has a line at least.");
    }
}
